"""The pages for looking things up that are made from the code itself: formulas and sources."""
