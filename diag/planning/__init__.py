"""What is worth its minutes next: layers, checks, remedies, walks."""
