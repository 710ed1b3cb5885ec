"""Stain on a body: layers, faces, chips to stain optics, and forecasts with doubt. Arrays in, arrays out."""
