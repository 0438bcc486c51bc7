"""The batch journal: batches made, stock, lots and what was last paid. It takes finished sheets and never feeds the
solver by itself.

`store` alone knows SQLite, `schema` has its tables. A batch again, or in the middle, is planned in `repeating` and
`amending`.

event: one thing that happened; events are only ever added, and undone by another.
batch: what was made: its lines as weighed beside what was planned, and its sheet as judged on that day.
recipe: the scenario that a batch is made from; as weighed, some of its amounts are replaced.
package: what was bought at once, with lot, price and use-by date; in stock as long as some of it is left.
withdrawal: what a batch took from a package.
lot: the maker's number on a package; `history` traces it to the batches that hold it.
last price: what a food last cost, and how that is known.
"""
