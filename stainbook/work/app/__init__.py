"""The app: how it is started, its demonstration lab, long work, and the cases that wait."""
