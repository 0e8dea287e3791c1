"""Publishing: records put into words, charts, drawings, a report and a card; nothing is computed again."""
