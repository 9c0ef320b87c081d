"""Ways of deciding when to renew, compared on the same simulated futures.

What each renewal costs is said by `decisions.costing.renewal_costs`, as in the budget.
"""
