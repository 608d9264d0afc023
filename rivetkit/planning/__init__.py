"""From a job to a plan: what comes out, what goes in, what holds and what does not."""
