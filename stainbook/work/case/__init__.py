"""A case: its zones and targets, the advice and the plan, its changes, and how it leaves the lab."""
