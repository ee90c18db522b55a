"""What follows from a female's company, signs and scans."""
