// Not verified here: no Android SDK and no current Gradle are on the project's machines. The same sources, resources
// and versions as `cargo tool test app` takes; a test of the chores compares them.
import org.jetbrains.kotlin.gradle.dsl.JvmTarget

plugins {
    id("com.android.application") version "8.12.0"
    id("org.jetbrains.kotlin.android") version "2.4.21"
    id("org.jetbrains.kotlin.plugin.compose") version "2.4.21"
}

android {
    namespace = "fallaway.app.android"
    compileSdk = 36

    defaultConfig {
        applicationId = "fallaway.app.android"
        minSdk = 26
        targetSdk = 35
        versionCode = 1
        versionName = "0.1.0"
    }

    sourceSets["main"].manifest.srcFile("AndroidManifest.xml")
    sourceSets["main"].kotlin.srcDirs("src", "../view/src", "../model/src")
    sourceSets["main"].res.srcDirs("res")

    buildTypes["release"].apply {
        isMinifyEnabled = true
        isShrinkResources = true
        proguardFiles(getDefaultProguardFile("proguard-android-optimize.txt"), "rules.pro")
    }

    buildFeatures { compose = true }
    compileOptions {
        sourceCompatibility = JavaVersion.VERSION_17
        targetCompatibility = JavaVersion.VERSION_17
    }
}

kotlin { compilerOptions { jvmTarget = JvmTarget.JVM_17 } }

composeCompiler { stabilityConfigurationFiles.add(layout.projectDirectory.file("../view/stable.txt")) }

dependencies {
    implementation("dev.fallaway:fallaway-android:0.1.0")
    implementation("androidx.activity:activity-compose:1.13.0")
    implementation("androidx.compose.foundation:foundation:1.12.1")
    implementation("androidx.compose.material3:material3:1.4.0")
    implementation("androidx.core:core:1.18.0")
    implementation("androidx.lifecycle:lifecycle-viewmodel-savedstate:2.11.0")
    implementation("com.google.zxing:core:3.5.4")
}
