"""What is doubtful in a book: one small pure function a finding."""
