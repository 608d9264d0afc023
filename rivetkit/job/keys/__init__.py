"""Every key of a job file, told once: for the reader, for editors, for complaints."""
