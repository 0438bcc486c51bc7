"""Why a plan is what it is: each dose, shadow prices of limits, conflicts among rules, remedies and their bills.

Every claim is solved and assessed before it is said. The records that say it are in `sheet/reasons`.
"""
