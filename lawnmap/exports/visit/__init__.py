"""The visit page: one HTML file to fill in on the lawn."""
