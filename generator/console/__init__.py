"""What is served over the network: the patients' plans, and later the unit's own pages."""
