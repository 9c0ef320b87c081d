"""How each kind ages: non-parametric curves, the likelihood of the lives, and the posterior."""
