"""A sheet, a trip to the store, a journal -> text, JSON, pages and files. Renderers print what is there.

They compute nothing. Here stands what the outputs share; each output is one file in `text`, `json`, `html` or `files`,
and these four do not know each other.
"""
