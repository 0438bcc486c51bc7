"""The optimization: a scenario as labelled arrays, objectives, the solver, the nearest mix where nothing is feasible.

Only `build` and its columns and limits know food; `problem` and `solver` know numbers. Nothing is judged here.
"""
