"""What is done with what is known: a scenario becomes a plan, an assessment, a sheet, papers, a journal.

The verbs are files, the nouns are folders. What is known about food as such is in `catalog`.
"""
