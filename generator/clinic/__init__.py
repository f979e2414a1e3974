"""What a unit states and what a booking is: the nouns, and how they are read from parsed TOML."""
