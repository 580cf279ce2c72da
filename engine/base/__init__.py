"""What every other room leans on: the refusal, files written whole, archives opened with care.

Imports nothing of ours. Door: `refusal.Refusal`, the one sentence that a user's mistake becomes.
"""
