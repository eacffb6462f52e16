"""What is printed at real size: laid out in millimetres, drawn on the screen, in PDF and SVG."""
