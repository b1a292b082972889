"""Wheels on record: what was measured, read, heard, turned and broken, the sheet that stays with the wheel, building one from parts."""
