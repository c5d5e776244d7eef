"""From readings to a statement: which lead is what, which half is dead, what to read next."""
