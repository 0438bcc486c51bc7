"""A sheet, a market report, a journal -> text, JSON, pages and files. Renderers print what is there, computing nothing.

Here stands what the outputs share; each output is one file in `text`, `json`, `html` or `files`, and these four do not
know each other. What an amount, a weight or a rounded number looks like is in `sheet`.

headline: the first line of a plan: whether every limit is met, and what that depends on.
mark: the word beside a limit: ok, SHORT, OVER.
bar: where minimum, amount and maximum stand on one scale.
origin: what a file was made from, in one line.
rows, answers: what `market` prints, every cell as text, the same in text and on the page.
"""
