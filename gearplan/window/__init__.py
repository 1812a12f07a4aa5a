"""The Qt window. It shows what plan computes and computes nothing itself."""
