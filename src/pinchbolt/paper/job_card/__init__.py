"""The job card with its torque sheet on paper."""
