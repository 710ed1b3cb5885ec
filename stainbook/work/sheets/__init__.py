"""What is printed or leaves the lab: bench sheets and the report of a case."""
