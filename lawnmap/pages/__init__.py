"""What is seen in a browser: HTML, CSS, JavaScript and words, with the one escape and the hashes."""
