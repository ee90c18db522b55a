"""Measurements that are not part of the tool: speed, plans compared, tests tried by mutation."""
