"""The work: the job card with its steps, and the torque sheet one joint at a time."""
