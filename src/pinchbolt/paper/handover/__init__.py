"""The handover sheet on paper."""
