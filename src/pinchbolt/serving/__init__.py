"""Puts the workshop on a port: settings, addresses, the server and its checks."""
