"""Printable pages from the templates in `templates/`: no request goes out. The only folder that knows Jinja2.

Charts come in as SVG from `files`.
"""
