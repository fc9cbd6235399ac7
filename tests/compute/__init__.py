"""Tests of the calculations around the job."""
