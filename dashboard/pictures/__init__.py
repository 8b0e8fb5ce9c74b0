"""The pictures: each a Plotly figure with one sentence that reads it and the table behind it."""
