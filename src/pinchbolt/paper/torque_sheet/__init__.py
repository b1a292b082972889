"""The torque sheet on paper, by itself."""
