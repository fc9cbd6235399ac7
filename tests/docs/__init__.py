"""The pages that people write."""
