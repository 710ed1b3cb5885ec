"""A picture to colours: decoding, reference target, correction, zones. Arrays in, arrays out."""
