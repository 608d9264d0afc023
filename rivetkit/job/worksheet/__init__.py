"""The sheet for the bench: holes go out to be measured, and the measurements come back."""
