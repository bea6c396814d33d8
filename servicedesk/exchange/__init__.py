"""What comes in and goes out in open formats: spreadsheets, waypoints, calendars, backups.

The doors for reading a list are `sheetfile.read_sheet_file`, `understand.likeliest_table`,
`understand.layout_for`, `columns.propose`, `understand.understand`, and
`waypoints.read_waypoints` with `waypoints.match_waypoints`. Types stand in `understood`.
"""
