"use client";

export { FailedPage as default } from "@/features/frame/failed-page";
