"""Simulated labs whose light obeys radiative transfer, not the model that the product fits."""
