"""The gears of a bike, or of any drive: drawn, after a swap below them, and what a hill asks for."""
