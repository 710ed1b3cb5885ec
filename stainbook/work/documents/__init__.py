"""What the commands print as JSON, and what all sheets are printed with; nothing is computed here."""
