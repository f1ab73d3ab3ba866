"""Finds plugins, orders and runs their passes, and takes a spec down the road to its Result."""
