"""How an act is written down and by whom: its transaction, roles and request mark, what a request names, where a job stands."""
