"""A sheet -> text, one file for each output. Renderers print what the sheet holds and compute nothing."""
