"""Read procedures from PDF files and pictures, each value with its page and box."""
