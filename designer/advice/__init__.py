"""Questions about a recipe that take many evaluations: what to change, what forgives, why."""
