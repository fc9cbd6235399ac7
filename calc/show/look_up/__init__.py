"""The pages for looking things up that are made from the code itself: formulas and sources."""

# Paper sets a page with this in two narrow columns (stylesheets/site.css): it is long, and people search it for one line.
CLOSE_ON_PAPER = '<div class="sm-close"></div>'
