"""Properties of the fuel."""
