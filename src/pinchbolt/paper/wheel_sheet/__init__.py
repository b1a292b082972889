"""The wheel sheet on paper."""
