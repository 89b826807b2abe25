"""Parts of planning an outing: what was asked, the water, the verdict, chances, buckets, and what goes on paper."""
