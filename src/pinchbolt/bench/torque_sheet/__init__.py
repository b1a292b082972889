"""The torque sheet, one joint at a time."""
