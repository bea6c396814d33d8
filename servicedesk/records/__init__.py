"""What the company knows, and how it came to be so: tables, the store, the change log.

Records know no calculation and no screen.
"""
