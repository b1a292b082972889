"""The findings: worst first, each with its rule, its reasons and what it asks for."""
