"""What is planned around a check: changing fuel over, tightening, the next date. Words of the workshop only."""
