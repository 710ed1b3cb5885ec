"""The lab's stains: plates and stripes, the fit, what was learnt from outcomes, and what layers become."""
