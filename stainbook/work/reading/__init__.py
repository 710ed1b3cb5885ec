"""Readings: taken in, converted, compared, under one light and observer, each with its doubt."""
