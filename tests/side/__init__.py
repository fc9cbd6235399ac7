"""Tests of `calc.side`: the small calculations beside the job."""
