"""The invented ship's jobs, and the scripts that set up, build and check the site."""
