"""Reports over a job: its plan, map, order, worksheet."""
