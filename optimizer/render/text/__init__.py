"""Text for a terminal, a pipe or a phone: it fits the width it is given. The only folder that lays out with rich.

Words that pages and files say too stand one folder up.
"""
