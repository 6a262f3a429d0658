"""What is drawn at full size: rods and templates, as SVG, as DXF and on pages to print."""
