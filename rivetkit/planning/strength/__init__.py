"""As strong as before: rows, sheets and what comes out for good."""
