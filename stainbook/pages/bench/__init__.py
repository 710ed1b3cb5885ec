"""Pages for the bench beside the way of one case: a tray in the furnace, the timeline of a case."""
