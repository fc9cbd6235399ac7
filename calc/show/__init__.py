"""Findings in, text out: pictures (SVG), pages (HTML), the terminal, the reference pages. Nothing is computed here."""
