"""Every joint that work opens: its window, marking, bolt and setting, the done value, the bolt round, the kit of tools."""
