"""Something came up: what a job does not do every day, each as an act, and taking back the last one."""
