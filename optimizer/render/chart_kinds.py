"""What a chart of a sheet can show. Free of all else, so that the command line knows it without loading a chart."""

CHARTS = ("limits", "sources", "cost", "sure", "front")
