"""Why a plan is what it is, and what would help where no mix does. What is said was solved and assessed before.

The records that say it are in `sheet/reasons`. What a price would have to be at the store is in `market`; more meat
after a slip in the bowl is in `more_meat`.

reason of a dose: what falls short without it, and what one step less or more would break.
shadow price: what a limit costs, the limit being moved by one percent (a stock by one step).
conflict: an irreducible infeasible set: rules that no mix keeps together, though it does when any one is dropped.
remedy: changes that make a mix possible: something to get, less of the meat, or a relaxed rule or dose.
candidate: what a remedy may tell to get.
relaxed: feasibility relaxation: the person's own rules or doses set by hand, given up as little as can be.
bill: what a remedy costs in whole packages, and what of that goes into the batch.
probe: a question to the live model: the best mix after a change.
surer: what is told of how sure a plan or a check is; the chances themselves are found in `sureness`.
"""
