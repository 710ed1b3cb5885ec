"""One module a step; the newest one's revision is ``schema.REVISION``."""
