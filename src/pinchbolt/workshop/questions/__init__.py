"""What is asked by hand and answered without a bike on record: gears, chain length, torque, tyre, one part, chains in bulk."""
