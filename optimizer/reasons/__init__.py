"""Why a plan is what it is: each dose, what each limit costs, what stands in the way, what would help.

Everything said here was computed: solved again without the jar, with the limit moved, with the help bought.
"""
