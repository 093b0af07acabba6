"""What requests and answers look like, for the described API and the page's types."""
