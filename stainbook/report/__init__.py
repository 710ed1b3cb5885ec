"""What leaves the lab: the PDF of a case and its tables. Plain data in, files out."""
