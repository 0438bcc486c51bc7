"""At the store: offers in whole packages, the cheapest mix that they make, and what each price would have to be.

What a scenario says about shopping is read in `scenario`; price lists are read in `catalog/prices`. A plan from what
is on hand needs none of this, but for the prices of what it could add (`known_prices`).

offer: one thing on sale in one store, in packages or by weight (`loose`).
buying problem: the model of a plan with a column for the packages of each offer.
buyer: the live model of a buying problem, asked again with other queries: other prices, an offer more or less.
purchase: how many packages of each offer, and what they cost.
basket: a purchase with the batch that comes of it, weighed out and assessed; its lines are the shopping list.
trip: one run: the best basket, or the nearest where none keeps every rule.
break-even price: the price at which an offer comes into the best basket or leaves it.
substitution: the best basket with an offer that is not bought now, or without one that is.
sweep: one price over a range, in segments between which the best basket stays the same (parametric programming).
market report: a trip with all that was asked about it.
"""
