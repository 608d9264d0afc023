"""Reports on one question, without a job."""
