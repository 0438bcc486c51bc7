"""Files that other programs open: Markdown, CSV, the workbook, charts, the calendar, the shopping list.

Nothing is written to disk here: each gives its text or its bytes.
"""
