"""The weigh-out sheet as data, and what follows from a finished one: order of work, portions, contributions, reports.

Amounts (`amount_words`) and numbers (`numbers`) in words are here too, the same rounding for all, and the records of
what is said of a plan (`reasons`). Pages and files are made in `render`; what is said is found in `explain`.

sheet: all that is printed of a plan or a check; one line for each thing to weigh out.
order of work: the lines in bowls, each with its tolerance and the total on the scale.
contributions: what each ingredient brings of each nutrient.
portions: the batch divided among cats, days and bags.
vet report: the batch with every figure's source and every standard, for somebody without this program.
"""
