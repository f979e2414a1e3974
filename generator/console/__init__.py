"""What is served over the network: the patients' plans, and the unit's own pages for clerks and nurses."""
