"""A farm written as a folder of CSV sheets: their columns, and reading them with every fault named."""
