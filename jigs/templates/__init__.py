"""A module for each template: workup and room in, drawing out. A template knows no paper and no file format."""
