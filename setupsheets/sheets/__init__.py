"""The sheets: what a plan comes to as finished strings, drawings and pages."""
