"""What a person asks for: a scenario file read, checked, altered; frozen records whose amounts are counts of a measure.

Nothing is computed of it here: no nutrients, no arrays, no offers in packages. `schema` (with `cats_schema` and
`market_schema`) has the keys of the file, `items` what an entry means and the default steps of the measures.
"""
