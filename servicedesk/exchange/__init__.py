"""What comes in and goes out in open formats: spreadsheets, waypoints, calendars, backups.

The doors for reading a list are `sheetfile.read_sheet_file`, `understand.likeliest_table`,
`understand.layout_for`, `columns.propose`, `understand.understand`, and
`waypoints.read_waypoints` with `waypoints.match_waypoints`. Types stand in `understood`.
"""

import os

# The reader of workbooks would take another XML parser where one happens to be installed, past the
# one that refuses external entities and torn files with a clear error.
os.environ.setdefault("OPENPYXL_LXML", "False")
