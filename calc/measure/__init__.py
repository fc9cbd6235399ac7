"""Words of metrology only: uncertainty, conformity, monotone curves. Knows nothing of pumps, files or pages."""
