"""Photos: a picture with a colour chart to the colours of its zones."""
