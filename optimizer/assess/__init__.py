"""Amounts judged: nutrients against a standard, parts of the meat, cautions. A plan and a check are judged alike.

No arrays and no solver are known here, so that what they find is judged by other code. Texts of cautions are rows of
`catalog/tables/cautions.csv`; only those with numbers of the batch in them are made here.
"""
